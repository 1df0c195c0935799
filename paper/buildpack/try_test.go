package buildpack
import ("testing";"fmt";"time";"sort";"dawnsmith/lamp/predict";"dawnsmith/lamp/price";"dawnsmith/paper/internal/sample";"dawnsmith/quantity")
func TestTry(t *testing.T){
 l:=sample.Lamp(nil)
 t0:=time.Now()
 u,err:=predict.Spread(l)
 fmt.Println(err, time.Since(t0))
 var ks []string; for k:=range u.Values{ks=append(ks,k)}; sort.Strings(ks)
 for _,k:=range ks{ v:=u.Values[k]; fmt.Println(k, quantity.FormatUncertain(v.X,2*v.U()))}
 for _,f:=range u.Findings{fmt.Printf("%+v\n",f)}
 for _,a:=range u.Assumptions{fmt.Println(a)}
 b,err:=price.List(l,sample.Parts(),nil)
 for _,n:=range b.Lines{fmt.Println(n.Class,n.Kind,n.Name,n.NeedText(),n.FirstPacks,n.NextPacks,n.First)}
 fmt.Println(b.First,b.Next,b.Tools,err)
}
